"""People: words of file names that say who plays or sings, so that nobody's name is read as an instrument.

Conventions
-----------
Given names are in small letters without accents; those that are a word of the studio as well ("Tom", "Viola", "Kit") are not
listed. Which names are common is general knowledge, no source.
"""

from __future__ import annotations

_GIVEN = """
aaron abby abdul abel abigail abraham ada adam adela adele adrian adriana adriano agata agathe agnes agneta agnieszka ahmed aida
aiden aiko aisha akira alain alan alana alba albert alberto aldo alejandra alejandro alessandra alessandro alessia alessio alex
alexa alexander alexandra alexis alfie alfonso alfred alfredo ali alice alicia alina alison allison alma alonso alvaro alvin
amalia amanda amara amber amelia amelie amina amir amit amy ana anabel anastasia anders andre andrea andreas andrei andres andrew
andrzej andy anette angel angela angelica angelina angelo angie angus anika anita anja ann anna annabel anne annette annika
anthony antoine anton antonia antonio april ariana ariel armando arne arno arthur arturo asha ashley ashton astrid aubrey audrey
august augusto aurora austin ava avery axel ayesha ayla barbara barry bart bartek bastian beate beatrice beatriz becca becky ben
benedikt benjamin bernard bernd bernie bert bertha beth bethany betty beverly bianca bill billy birgit bjorn blake bob bobby boris
brad bradley brandon brenda brendan brent brett brian bridget brigitte britta brooke bruce bruno bryan caleb callum calvin cameron
camila camilla camille candice carina carl carla carlo carlos carly carmen carol carolina caroline carrie carter casey cassie
catalina catarina caterina catherine cathy cecile cecilia cedric celia celina cesar chad chantal charlotte chiara chloe chris
christa christian christina christine christoph christopher chuck cindy clara clarissa claude claudia claudio clemens
clement clive cody colette colin connor conrad constance cora corinna corinne courtney craig cristian cristina curtis cynthia daisy
damian damien dana daniel daniela daniele danielle danilo danny daphne daria dario darius darren dave david davide dayo deborah
debbie declan deepak deirdre delia delphine denis denise dennis derek desiree desmond devin devon diana diane didier diego dieter
dietmar dimitri dina dirk dolores dominic dominik dominique don donald donna dora doreen doris dorothea dorothy doug douglas
duncan dustin dwayne dylan earl eddie edgar edith eduardo edward edwin eileen elaine elena eleni eleanor eli elias elif elijah elin
elisa elisabeth elise eliza elizabeth ella ellen ellie elliot elliott elsa elvira emanuel emil emilia emilie emilio emily emma
emmanuel enrico enrique enzo eric erica erich erik erika erin ernst ervin esme esmeralda esteban estelle ester esther ethan etienne
eugene eugenia eva evan evelyn ezra fabian fabio fabrice fabrizio fabiana farah fatima federica federico felicia felicity felipe
felix fergus fernanda fernando fiona flavia flavio flora florence florian floriane francesca francesco francine francis francisca
francisco franck franco francois francoise frank frankie franz franziska freddie frederic frederik fredrik frieda fritz gabriel
gabriela gabriele gabriella gareth gary gavin gemma genevieve george georgia georgina gerald gerard gerd gerda gerhard geoff gianna
gianni gilbert gillian gina ginny giorgio giovanna giovanni giulia giulio giuseppe gladys glenn gloria gonzalo gordon goran graham
greg gregor gregory greta grzegorz guido guillaume guillermo gunnar gustav gustavo gwen hailey hakan hamza hanna hannah hannes
hans harald harold harriet harrison harry hasan hassan hazel heather hector heidi heiko heinrich heinz helen helena helene helga
helmut hendrik henri henrik henry herbert herman hermann hilary hilda hiroshi holger holly horst howard hubert hugh hugo
hussein ian ibrahim ida ignacio igor ilaria ilona ilse imani imogen imran ines inga inge ingeborg ingo ingrid irene irina iris
isaac isabel isabella isabelle isaiah isla ismael ivan ivana ivo ivy jack jackie jackson jacob jacqueline jacques jade jaime jake
jakob jakub jamal james jamie jan jana jane janet janina janine janis jared jarek jasmin jasmine jason jasper javier jaylen jean
jeanette jeanne jeff jeffrey jelena jenna jennifer jenny jens jeremy jerome jerry jesper jesse jessica jessie jill jillian jim
jimmy joan joana joanna joao joaquin jochen joel joerg joey johan johann johanna johannes john johnny jolanda jon jonah jonas
jonathan jordan jordi jorge jorgen jose josef josefine joseph josephine josh joshua joyce juan juana juanita judith judy jules
julia julian juliana julie julien juliet juliette julio julius june jurgen justin justine justyna kai kamil kamila kara karen
karim karin karina karl karla karol karolina kasia kasper kate katerina katharina katherine kathleen kathrin kathryn kathy katia
katie katja katrin katrina katy kayla keiko keith kelly kelsey kendra kenji kenneth kenny kerry kerstin kevin khalid kiara kiera
kieran kim kimberly kirsten kirsty klaus konrad kristen kristin kristina kristof krystian krzysztof kurt kwame kyle kylie lamar
lana lara larissa larry lars laszlo laura lauren laurence laurent laurie lea leah leandro leila lena lennart lennon leo leon
leona leonard leonardo leonie leroy leslie leticia levi lewis liam liana lidia lila lili liliana lilian lilly lily lina linda
lindsay lindsey linnea linus lionel lisa lise livia liz lizzie logan lola loraine loredana lorenz lorenzo loretta lorna lorraine lotte
lottie lou louis louisa louise luc luca lucas lucia luciana luciano lucie lucien lucinda lucy ludwig luigi luis luisa lukas luke
luna lutz lydia lynn maddie madeleine madison mads magda magdalena magnus mahmoud maike maja malcolm malik malin manfred manon manuel
manuela marcel marcelo marcia marcin marco marcos marcus marek margaret margarita margit margot marguerite maria mariana
marianne marie mariel marijke marina mario marion marisa marissa marisol marius marjorie markus marlene marlon marta martha
martin martina martine martyn marvin mary mateo mateusz matheus mathias mathieu mathilde matilda matt matteo matthew matthias
maureen maurice mauricio maurizio maxime maximilian maya meera megan mehmet melanie melinda melissa mercedes meredith mia michael
michaela michal micheal michel michela michele michelle miguel mila milan milena milo mina mira miranda mireille miriam mirjam
misha mitchell moira mohamed mohammed moises molly monica monika monique morgan moritz moses muhammad muriel mustafa myriam
nadia nadine naomi natalia natalie natasha nathalie nathan nathaniel neil nelly nicholas nick nicky nico nicola nicolas nicole
niels nigel nikita nikolai nikolas nils nina noah noel noelia noemi nora norbert noreen norma norman nuno octavio odessa odette
odile ola olaf oleg olga olivia olivier oliver omar oriana oscar oskar osvaldo otis otto owen pablo paloma pamela paola paolo
pascal pascale patrice patricia patricio patrick patrik patrizia paul paula paulina pauline paulo pavel pawel pedro peggy penelope
 per percy perry peter petra philip philipp philippa philippe phillip phoebe phyllis pierre pilar piotr polly priscilla
priya quentin quincy rachel rafael rafaela rahul raimund rainer raj ralf ralph ramon ramona raphael raquel raul rebecca regina
reggie reinhard renata renate renato rene renee ricardo riccardo richard rick ricky rita robbie robert roberta roberto robin rocio
rodney rodolfo rodrigo roger rogerio roland rolf roman ron ronald ronnie ronny rosa rosalie rosalind rosanna rosario rose rosemary
rosie ross roxanne roy ruben rudolf rudy rufus rupert russell ruth ryan sabine sabrina sadie salma salvador salvatore sam samantha
samir samira sammy samuel sandra sandro sara sarah sascha saskia scott sean sebastian sebastiano selena selina selma serena serge
sergei sergio seth shane shannon sharon shaun shawn sheila shelby shelley sheryl shirley sienna sierra sigrid silas silke silvia
silvio simon simona simone siobhan skylar sofia sofie solange sonia sonja sophia sophie soren spencer stacey stacy stan stanley
stefan stefania stefano stella stephan stephanie stephen steve steven stina stuart sue sunita susan susana susanna susanne susie
suzanne sven svetlana sybille sylvain sylvia sylvie tabitha tamara tamika tania tanja tanya tara tariq tasha tatiana tatjana taylor
ted teddy terence teresa teri terrence terry tessa thea thelma theo theodor theresa therese thierry thomas thorsten tiago tiffany
tilda tim timo timothy timmy tina tobias toby todd tomas tomasz tomek tommy toni tony torben torsten tracey tracy trent trevor
tricia trine tristan trudy tyler tyrone ugo ulf uli ulla ulrich ulrike umberto ursula uschi uwe valentin valentina valeria
valerie vanessa vera verena veronica veronika veronique vicente vicki vicky victor victoria viktor viktoria vincent vincenzo
virginia vito vittorio vivian viviana vivienne vladimir volker waldemar wallace walter wanda warren wayne wendy werner wesley
whitney wilfried wilhelm willem william willie willy wilma winston wojciech wolfgang xavier xenia ximena yanis yann yannick yasmin
yasmine yolanda yosef youssef yuki yuri yusuf yvette yvonne zac zach zachary zara zeynep zoe zofia
"""
GIVEN = frozenset(_GIVEN.split())

# In front of a name, in a few languages, and what a band or a congregation calls its own.
_TITLES = """
sis sister bro brother pastor deacon deaconess bishop reverend elder minister mister mrs miss uncle auntie aunt dad daddy papa
mum mummy mama mom mommy grandma grandpa granny mme mlle madame monsieur frau herr don dona senor senora tio tia
"""

PEOPLE = GIVEN | frozenset(_TITLES.split())
