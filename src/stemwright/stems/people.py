"""People: words of file names that say who plays or sings, so that nobody's name is read as an instrument.

Conventions
-----------
Given names are in small letters without accents; those that are a word of the studio as well ("Tom", "Viola", "Kit") are not
listed. Which names are common is general knowledge, no source.
"""

from __future__ import annotations

_GIVEN = """
aaron abby abdul abel abena abi abigail abraham ada adam adela adele adrian adriana adriano agata agathe agnes agneta
agnieszka ahmed aida aiden aiko aino aisha akira alain alan alana alba albert alberto aldo alejandra alejandro alessandra
alessandro alessia alessio alex alexa alexander alexandra alexis alfie alfonso alfred alfredo ali alice alicia alina alison
allison alma alonso alvaro alvin amalia amanda amandine amara amber amelia amelie amina amir amit amy ana anabel anastasia
anders andre andrea andreas andreea andrei andres andrew andrzej andy anette angel angela angelica angelina angelo angie
angus anika anil anita anja ann anna annabel anne anneli annette annika anouk anthony antoine anton antonia antonio anya
aoife april ariana ariel arjun armando arne arno arthur arturo asha ashley ashton astrid aubrey audrey august augusto
aurelie aurora austin ava avery avi axel ayesha ayla ayse barbara barry bart bartek bastian bastien beate beatrice beatriz
becca becky ben benedikt benjamin bernard bernd bernie bert bertha bess beth bethany beto bette betty beverly bianca bill
billy birgit bjorn blake bob bobby bogdan boris brad bradley bram brandon brenda brendan brent brett brian briana brianna
bridget brigitte britta brooke bruce bruna bruno bryan bubba caio caleb callie callum calvin cameron camila camilla camille
candice capucine carina carl carla carlo carlos carly carmen carol carolina caroline carrie carter casey cassie catalina
catarina caterina catherine cathy cecile cecilia cedric celia celina cesar chad chantal charlotte chiara chidi chloe chris
christa christian christina christine christoph christopher chuck chuy cindy clara clarissa claude claudia claudio clemens
clement cleo cletus clive cody cole colette colin connor conrad constance consuelo cora coralie corinna corinne courtney
craig cristian cristina curtis cynthia daan daisy dakota damian damien dana daniel daniela daniele danielle danilo danny
dante daphne daria dario darius darlene darnell darren dave david davide dayo debbie deborah declan deepak deirdre deja
delia delphine denis denise dennis derek deshawn desiree desmond despina detlef devin devon diana diane didier diego dieter
dietmar dimi dimitri dina dirk dmitri dolly dolores dominic dominik dominique don donald donna dora doreen doris dorothea
dorothy doug douglas dragan duda duncan dustin dwayne dwight dylan earl ebba ebony eddie edgar edith eduardo edward edwin
eileen eino elaine eleanor eleftheria elena eleni eli elias elif elijah elin elisa elisabeth elise eliza elizabeth ella
ellen ellie elliot elliott eloise elsa elvira emanuel emeka emeline emil emilia emilie emilio emily emma emmanuel emre
enrico enrique enzo eric erica erich erik erika erin ernst ervin esme esmeralda esteban estelle ester esther ethan etienne
etta eugene eugenia eva evan evelyn ezra fabian fabiana fabien fabio fabrice fabrizio farah farid fatima fatma federica
federico felicia felicity felipe felix femi femke fergus fernanda fernando finn fiona flavia flavio flora florence florian
floriane floyd francesca francesco francine francis francisca francisco franck franco francois francoise frank frankie franz
franziska freddie frederic frederik fredrik freja frieda fritz gabriel gabriela gabriele gabriella gael gareth gary gavin
gemma genevieve geoff george georgia georgina gerald gerard gerd gerda gerhard gianluca gianna gianni gilbert gilles gillian
gina ginny giorgio giovanna giovanni giulia giulio giuseppe gladys glenn gloria gonzalo goran gordon gosia graham greg
gregor gregory greta grzegorz guido guillaume guillermo gunnar gunther gus gustav gustavo gwen gyorgy hailey hakan hamza
hank hanna hannah hannes hans harald harold harriet harrison harry hartmut haruka hasan hassan hattie hazel heather hector
heidi heiko heinrich heinz helen helena helene helga helmut hendrik henri henrik henry herbert herman hermann hilary hilda
hiro hiroshi holger holly horst howard hubert hugh hugo hunter hussein hyun ian ibrahim ida ignacio igor ilaria ilmari ilona
ilse ilya imani imke imogen imran ines inga inge ingeborg ingo ingrid ioana irene irina iris isaac isabel isabella isabelle
isaiah isla ismael istvan itziar ivan ivana ivo ivy jack jackie jackson jacob jacqueline jacques jade jaime jake jakob jakub
jamal james jamie jan jana jane janet janina janine janis jared jarek jasmijn jasmin jasmine jason jasper javier jaylen
jaylo jean jeanette jeanne jeff jeffrey jelena jenna jennifer jenny jens jeremy jeroen jerome jerry jesper jesse jessica
jessie jill jillian jim jimmy jisoo joan joana joanna joao joaquin jochen joel joerg joey johan johann johanna johannes john
johnny jolanda jolene jon jonah jonas jonathan joost jordan jordi jorge jorgen jose josef josefine joseph josephine josh
joshua jovana joyce juan juana juanita judith judy juha jules julia julian juliana julie julien juliet juliette julio julius
june jurgen justin justine justyna kai kamil kamila kara karen karim karin karina karl karla karol karolina kasia kasper
katalin kate katerina katharina katherine kathleen kathrin kathryn kathy katia katie katja katrin katrina katy kavita kayla
kaylee kazuo keiko keisha keith kelly kelsey kendra kenji kenneth kenny kenta kerry kerstin kevin khalid kiara kiera kieran
kim kimberly kira kirsten kirsty klaus kofi konrad kostas kristen kristin kristina kristof krystian krzysztof kurt kwame
kyle kylie lakshmi lamar lamont lana lara larissa larry lars laszlo latoya laura lauren laurence laurent laurie layla lea
leah leandro leila lena leni lennart leo leon leona leonard leonardo leonie lerato leroy leslie leticia levi lewis
liam liana lidia lila lili lilian liliana lilly lily lina linda lindsay lindsey linnea linus lionel lisa lise livia liz
lizzie logan loic lola loraine loralee loredana lorenz lorenzo loretta lorna lorraine lotte lottie lou louis louisa louise
luc luca lucas lucia luciana luciano lucie lucien lucille lucinda lucy ludwig luigi luis luisa lukas luke luna lupe lutz
lydia lyle lynn lyse maarten mabel maddie madeleine madison mads mae mael maeve magda magdalena magnus mahmoud maike maite
maja malcolm malik malin manfred manon manuel manuela marcel marcelo marcia marcin marco marcos marcus marek margaret
margarita margit margot marguerite maria mariana marianne marie mariel marijke marina mario marion marisa marisol marissa
marius marjorie markus marlene marlon marlowe marta martha martin martina martine martyn marv marvin mary masha mason mateo
mateusz matheus mathias mathieu mathilde mathis matilda matt matteo matthew matthias matti maureen maurice mauricio maurizio
maxime maximilian maya mckenzie meera megan mehmet melanie melinda melissa mercedes meredith merle mia michael michaela
michal micheal michel michela michele michelle miguel mihai mikkel mila milagros milan milena milo milos mina minho minji
minnie mira miranda mireille miriam mirjam misha mitch mitchell mohamed mohammed moira moises molly monica monika monique
monty morgan moritz moses moshe muhammad murat muriel murph mustafa myriam nadia nadine naoko naomi natalia natalie natasha
nate nathalie nathan nathaniel ned neha neil nele nell nellie nelly ngozi niamh nicholas nick nicky nico nicola nicolas
nicole niels nigel nikita nikolai nikolas nikos nils nina nisha noah noam noel noelia noemi noemie nora norbert noreen norma
norman nour nuno nuria oceane octavio odessa odette odile oksana ola olaf oleg oleksandr olga oliver olivia olivier omar
ondrej oriana oscar oskar osvaldo otis otto owen ozzy pablo paco paloma pamela paola paolo pascal pascale patrice patricia
patricio patrick patrik patrizia patsy paul paula paulina pauline paulo pavel pawel pedro peggy pekka penelope pepe per
percy perry pete peter petra phil philip philipp philippa philippe phillip phoebe phyllis pierre pieter pilar piotr polly
pooja priscilla priya quentin quincy quique rachel radu rafa rafael rafaela rahul raimund rainer raj ralf ralph ralphie
ramon ramona randy raphael raquel rasmus raul rebecca reggie regina reinhard remi renata renate renato rene renee rhonda
ricardo riccardo richard rick ricky rita rivka robbie robert roberta roberto robin rocio rodney rodolfo rodrigo roger
rogerio rohan rolf roman ron ronald ronnie ronny rory rosa rosalie rosalind rosanna rosario roscoe rose rosemary
rosie ross roxanne roy ruben rudiger rudolf rudy rufus rupert russ russell rutger ruth ruthanne ruthie ryan sabine sabrina
sade sadie sakura salma salvador salvatore sam samantha samir samira sammy samuel sandra sandro sanjay sanne sara sarah
sascha sasha saskia savannah scott scotty sean sebastian sebastiano selena selina selma serena serge sergei sergio seth
shane shannon sharon shaun shawn shawna sheila shelby sheldon shelley sheryl shira shirley shreya sienna sierra signe sigrid
sigurd silas silke silvia silvio simon simona simone sinead siobhan sipho skylar skyler sloane sofia sofie solange soledad
solene solveig sonia sonja sonny sophia sophie soren spencer stacey stacy stan stanley stefan stefania stefano stella
stephan stephanie stephen steve steven stina stuart sue sunita susan susana susanna susanne susie suzanne sven svetlana
svitlana sybille sylvain sylvia sylvie tabitha tad takeshi tamar tamara tamika tammy tania tanisha tanja tanya tara taras
tariq tasha tatiana tatjana taylor ted teddy terence teresa teri terrence terry tess tessa thabo thea thelma theo theodor
theresa therese thiago thibault thierry thomas thorsten tiago tiffany tilda tim timmy timo timothy tina tobi tobias toby
todd tomas tomasz tomek tommy toni tony torben tori torsten tracey tracy trent trev trevor tricia trina trine trish trisha
tristan trudy tunde tuuli tyler tyrell tyrone ugo ulf uli ulla ulrich ulrike umberto ursula uschi uwe valentin valentina
valeria valerie vanessa velma vera verena vern veronica veronika veronique vesa vicente vicki vicky victor victoria vika
vikram viktor viktoria vince vincent vincenzo virginia vito vittorio viv vivian viviana vivienne vladimir volker waldemar
wallace walt walter wanda warren waylon wayne wendy werner wes wesley whitney wilfried wilhelm willem william willie willy
wilma wim winston wojciech wojtek wolfgang wyatt xavier xenia ximena xochitl yael yanis yann yannick yannis yasmin yasmine
yemi yola yolanda yosef youssef yuki yuri yusuf yves yvette yvonne zac zach zachary zara zdenek zeke zelda zeynep ziggy zoe
zofia zola zora zosia zsofia zuri
aarav aatu abebe adama aditi akiko akosua akua alyosha amadou aminata anand antti arvid arvind awa ayumi babacar bakary balint
baris bojan bosse boubacar bronek chepe chihiro chinedu chinonso csaba daichi darek deepa dejan deniz divya djeneba dmitry
dorottya eero elina emine eskil eszter fatou ferenc franek gabor gauri gergo gosta grazyna halina hana hania harish haruto
hatice heikki hideo hilkka hinata hjalmar honza ibou ifeoma ildiko imre inger ingmar irek ishaan jadwiga janos jari jasna jitka
joep jola jorma jovan jozsef jukka kacper kaisa kaito kalevi kalle kaori katya kavya kazuki keiichi khadija kiran kirsi kjell
knut krisztina krysia kwaku kwesi laila lakshman lalo lamine lasse lauri leena leif leszek levente leyla ljubica luka lupita maj
makoto mamadou manish mariam mariko markku marton maryam marzena masato mattias megumi miho mikko milica mirek mirka misaki
modibo mohan moussa nabil nadir nandini naoki nastya natsuki neeta nenad nikhil nikola nisse noura obinna oddvar olav olli olya
ondra orhan orsolya ousmane paivi paquita pentti petar petri pirjo prakash preeti przemek radek radka ragnhild rajesh rakesh
rania rashid rashmi reijo reka rekha renia rico rina risto ritu ryota ryszard salif sandeep sanna sasa satoshi sekou selim seppo
seraphine serkan seydou shalini shinji sigge slawek sota staszek stig stojan sture suresh sveta swati szymon tadek taina takumi
tamas tanvi tapio tarek taro teemu tere tibor tiina toivo tolga torbjorn trond tuomas tuula tuva ufuk ulrika urszula usha vanya
varun vesna vidar vijay ville vinod vojtech volkan vuk walid wiktor yaa yadira yasin yaw yoko youssra yulia yumi yuto zaki
zbyszek zehra zhenya zoltan zoran zuzana zuzia
"""
GIVEN = frozenset(_GIVEN.split())

# In front of a name, in a few languages, and what a band or a congregation calls its own.
_TITLES = """
sis sister bro brother pastor deacon deaconess bishop reverend elder minister mister mrs miss uncle auntie aunt dad daddy papa
mum mummy mama mom mommy grandma grandpa granny mme mlle madame monsieur frau herr don dona senor senora tio tia
"""

TITLES = frozenset(_TITLES.split())

PEOPLE = GIVEN | TITLES
